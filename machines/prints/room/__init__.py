"""The Print page: each sheet with its form, its preview and its reading distance."""
