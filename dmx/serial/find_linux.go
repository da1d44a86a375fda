package serial

func listPorts() ([]Adapter, error) { return Sysfs("/sys", "/dev")() }
