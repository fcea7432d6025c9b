"""Who may come in, and what is sent?"""
