"""The hearing benchmark: texts of the book, said by many voices, under conditions, by pipelines."""
