"""A room and its sound devices measured from some seconds of sound: figures and advice."""
