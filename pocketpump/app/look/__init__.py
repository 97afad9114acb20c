"""The look: ``theme`` has the colours and sizes, ``fonts`` the bundled fonts."""
