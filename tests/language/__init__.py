"""Every page and sheet in the pseudo-languages: nothing stays English, and nothing breaks."""
