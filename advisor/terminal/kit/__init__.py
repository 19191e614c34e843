"""``advisor kit``: a folder to carry to a place without network, with all that is needed to install and pages to print.

It is the one command that uses the network, by way of pip. ``wheels`` fetches, ``commands`` lays the folder out.
"""
