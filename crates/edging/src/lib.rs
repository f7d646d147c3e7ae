//! Edging between lawn and bed: length, pieces and stakes.
