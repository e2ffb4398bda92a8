package challenge

import (
	"time"

	"fairladle/challenge/kitchen"
)

// HomeService is one cook in a usual home kitchen who serves dishes at one
// time: a judge who tastes at home.
func HomeService(dishes []kitchen.Dish, portions int, serve time.Time) kitchen.Service {
	return kitchen.Service{Dishes: dishes, Portions: portions, Serve: serve, Cooks: []string{"you"}, Kitchen: kitchenOf(DefaultKitchen())}
}
