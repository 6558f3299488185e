"""The machine itself: winding, copper and rotor position sensors."""
