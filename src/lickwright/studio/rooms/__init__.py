"""What does each room of the studio show and do?"""
