"""The stages wired together: practising live, scoring afterwards, examining the machine."""
