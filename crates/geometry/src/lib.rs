//! Curves with stations and offsets, regions and lattices.
