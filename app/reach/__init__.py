"""Whether phones reach this server: what this machine can tell by itself, and what to try with a phone.

addresses   what kind of network an address is of, and whether plain http may be used there
machine     this machine's addresses and its firewall, as far as anybody may know them
probe       whether the server answers at an address
diagnosis   all of it together, as findings in words
steps       what to do with a phone, what each outcome means, and the ways out
"""
