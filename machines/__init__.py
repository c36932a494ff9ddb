"""What students may use: machines, demonstrations, sign-offs, holds, clearance, register."""
