"""The stages wired together into takes, and the check of the machine they run on."""
