"""Coaching: when to stay quiet, when to help, what to say aloud. Pure: values in, values out."""
