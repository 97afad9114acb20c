"""What counts now, out of everything ever written: pure functions over entries.

``split_conflict``  two contents of one id: the one keeps the id, the other is kept apart
``history``         what counts now; two copies united
``editable``        what may still be changed, and what goes along with it
``import_entries``  what another copy brings, sorted
"""
