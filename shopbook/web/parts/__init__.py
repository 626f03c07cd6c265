"""What the areas' pages share: the act, the forms' base, signing in, the frame, error pages."""
