//! The spot, the picture wanted there, and the run sheet.
