"""The shipped posts, found by entry point exactly as a stranger's would be."""
