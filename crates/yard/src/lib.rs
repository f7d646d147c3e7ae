//! The placed design: regions, arrangements of plants, growth.
