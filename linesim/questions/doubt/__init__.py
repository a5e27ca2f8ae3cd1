"""`doubt`: whether what nobody measured could turn the answer."""
