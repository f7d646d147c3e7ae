//! Takeoff: quantities summed into lines that can be checked by hand.
