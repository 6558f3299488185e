"""The vehicle: what the road asks, what the gearing makes of the motor, what a ride costs."""
