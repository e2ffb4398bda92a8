package kitchen

import (
	"fairladle/challenge/pantry"
)

// The names of equipment that a plan counts. Others are those of pantry's
// equipment table; bowls, boards and pans are not counted.
const (
	oven    = "oven"
	burner  = "hob burner"
	fryer   = "deep fryer"
	pan     = "frying pan"
	fridge  = "fridge"
	freezer = "freezer"
)

// inTheCold tells whether a piece of equipment keeps food cold: it is counted by
// portions, not by pieces, and takes no hands.
func inTheCold(machine string) bool { return machine == fridge || machine == freezer }

// counted are the machines that two tasks cannot use at once.
var counted = map[string]bool{
	"microwave": true, "deep fryer": true, "stand mixer": true, "hand mixer": true, "mixer": true, "food processor": true,
	"blender": true, "stick blender": true, "ice-cream maker": true, "slow cooker": true, "pressure cooker": true,
	"rice cooker": true, "air fryer": true, "smoker": true, "grill": true, "griddle": true, "waffle iron": true,
	"bread machine": true, "dehydrator": true, "toaster": true, "pasta machine": true, "spice grinder": true, "meat grinder": true,
}

// machineOf turns a name as people write it into the name that plans use.
func machineOf(name string) string {
	s := stems(name)
	switch n, _ := pantry.Equipment(s); {
	case len(s) > 0 && (s[len(s)-1] == "burner" || s[len(s)-1] == "hob" || s[len(s)-1] == "ring"):
		return burner
	case n != "":
		return n
	}
	return stemKey(name)
}
