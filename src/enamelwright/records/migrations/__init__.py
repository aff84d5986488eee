"""How a database comes from one version of the record to the next; run by :mod:`enamelwright.records.migrate`.

A revision, once released, is never edited. It shares no code with the tables as they are today, so
that it does in ten years what it does now; :mod:`.first` is its own frozen vocabulary.
"""
