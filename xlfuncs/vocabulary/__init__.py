"""What words mean: those of headings as concepts and fields, in any of the languages of `data/`."""
