"""What is worked out apart from the page, in processes of its own?"""
