"""The emergency card: ``card`` full screen, ``care`` its details, ``papers`` of the clinic."""
