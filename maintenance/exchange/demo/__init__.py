"""An invented base, written around any day as the files of a base and loaded like one."""
