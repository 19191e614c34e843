"""The cupellation: collector, cupel, heat, time, losses."""
