"""The boat as built: lands as measured on the moulds, and what is still to be hung lined off anew."""
