package bringup

// Checks are all links, in the order of the chain. One file each,
// check_<name>.go; a test compares the list with the folder.
var Checks = []*Check{
	supply,
	line,
	module,
	simcard,
	network,
	messages,
	sky,
	position,
	report,
}
