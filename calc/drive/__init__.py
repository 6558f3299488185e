"""Six-step inverter and machine together: torque at standstill and at speed."""
