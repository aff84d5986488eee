"""The studio's record: tables, repositories, migrations, snapshots, photos and the archive.

Three kinds of table. *Happened*: appended, never changed; a correction is a new row that names the
old one. *Kept*: the present state with a version, every earlier state beside it. *Derived*: can be
worked out again at any time. Nothing here knows the trade's rules; it keeps what it is given.
"""
