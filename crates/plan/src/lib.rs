//! The project: its types, its files, its validation and its commands.
