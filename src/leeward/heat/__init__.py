"""How hot, and when: layered transient conduction under a nozzle, with a node for each part."""
