//! Scenario A, four plans of one end: the figures worked by hand.
