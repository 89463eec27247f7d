"""What an author of procedures works with: begin, take over, compare, seal, and be advised."""
