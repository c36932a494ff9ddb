"""What every page shares: guards, refusals, the frame of the page, text size and colors."""
