"""What every screen is built from. Import the modules directly: this file loads nothing."""
