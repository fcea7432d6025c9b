"""How does one player's hand differ from the usual one?"""
