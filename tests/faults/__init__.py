"""A campaign against the book: kills, failing disks, swapped and damaged files, odd clocks."""
