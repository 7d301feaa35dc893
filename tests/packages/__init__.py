"""What is made of the program for those who have no terminal: `python3 run.py build`."""
