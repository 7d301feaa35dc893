"""The diary store of one person on this machine."""
