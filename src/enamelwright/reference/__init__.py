"""Every number the product did not get from its user, each with its source and its status.

One folder a field (``metals``, ``glass``, ``heat``, ``trade`` ...), each with CSV or JSON tables and
its own ``sources.toml``; sources common to all fields stand in the ``sources.toml`` beside this file.
Nothing is computed here: :mod:`enamelwright.reference.loader` reads, converts to SI and checks.
"""
