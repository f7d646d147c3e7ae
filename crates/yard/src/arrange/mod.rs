//! Arrangements: where the plants of an instruction stand, from pure geometry.
