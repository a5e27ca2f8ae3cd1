"""`fit`: which shape measured times have, how well it fits, and the line of TOML to paste."""
