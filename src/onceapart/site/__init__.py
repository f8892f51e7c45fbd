"""The site: the whole job on a phone in the garage and a screen in the kitchen.

``store`` keeps the workshop and its record, ``pages`` shows them, ``server`` serves them.
"""
