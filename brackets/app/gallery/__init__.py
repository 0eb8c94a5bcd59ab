"""What the program says of its own files and recipes: keys, starts, and the page that shows them all."""
