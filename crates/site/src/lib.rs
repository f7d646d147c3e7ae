//! Site: what is there, what stays, what is moved, what is cleared.
