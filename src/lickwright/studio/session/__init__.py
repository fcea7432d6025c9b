"""What does one open lesson, and one browser tab at it, hold?"""
