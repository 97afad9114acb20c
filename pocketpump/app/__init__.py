"""The screens: one place for what the person sees and touches."""
