"""The fresh mortar in the plan: will it stand, bond, pump and stay cool, hour by hour."""
