"""The file itself: opening, locking, checking, backing up, bringing to this version."""
