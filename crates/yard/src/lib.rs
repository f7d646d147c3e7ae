//! The yard: the design placed on the property.
//!
//! Instructions become geometry here: bed lines become regions, rows and masses become plants with
//! positions and identities, transplants find their new holes. Pure functions, values in, values
//! out; nothing derived is ever stored as truth.

pub mod arrange;
