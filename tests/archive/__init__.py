"""What a version made, kept so that every later version can be held to it: see DEVELOPERS.md."""
