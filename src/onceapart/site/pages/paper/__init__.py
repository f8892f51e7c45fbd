"""Papers: everything that can be printed, kept or shared, to download."""
