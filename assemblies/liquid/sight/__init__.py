"""Looking through a tank: how near things seem, where walls turn into mirrors, what a filled tube does."""
