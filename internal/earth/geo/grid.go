package geo

func parseGrid(body string) (Reading, bool, error) { return Reading{}, false, nil }
