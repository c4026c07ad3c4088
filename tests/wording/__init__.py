"""What people read; a package, for its modules bear the names of the modules of other rooms."""
