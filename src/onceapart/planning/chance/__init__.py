"""Plans that expect trouble: chances, spare hardware, and plans that hold with a given chance."""
