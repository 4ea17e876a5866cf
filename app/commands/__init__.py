"""The commands: what is said on the command line, and what each does beside the window."""
