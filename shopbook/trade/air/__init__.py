"""What a shop gives off and throws away, beside the limits of rules: mixes, records of spraying, waste."""
