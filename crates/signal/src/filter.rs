//! Filters, generic over the lane type.
