"""Paper: pages, pictures, and small diaries to draw them from."""
