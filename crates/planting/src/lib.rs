//! Planting: spacing, transplants, plants and bulk materials by the plan.
