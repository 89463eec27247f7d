"""What is kept of a take, and what is shown of it: the log and sound, summaries, text and page."""
