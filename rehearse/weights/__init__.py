"""The models: where they lie, whether they are unaltered, and the judge that reads text pairs."""
