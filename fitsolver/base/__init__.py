"""What every room stands on."""
