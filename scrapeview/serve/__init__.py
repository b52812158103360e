"""The dashboard served to this computer, or to the shop's network behind a passphrase."""
