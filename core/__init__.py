"""The shared rules core: values in, values out; no clock, chance, file, network or log."""
