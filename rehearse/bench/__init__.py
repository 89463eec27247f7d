"""How good the tool is, measured on cases written for that and fitted on by nobody."""
