package tasting

// WilliamsOrders is E. J. Williams's design (Australian Journal of Scientific
// Research A 2, 149-168, 1949): serving orders for n plates, each order a
// permutation of 0..n-1. Over all orders every plate stands in every position
// equally often, and every plate directly follows every other equally often.
// There are n orders for even n, 2n for odd n (the square and its reverse).
func WilliamsOrders(n int) [][]int {
	if n < 1 {
		return nil
	}
	first := make([]int, n)
	for k := 1; k < n; k++ {
		if k%2 == 1 {
			first[k] = (k + 1) / 2
		} else {
			first[k] = n - k/2
		}
	}
	var orders [][]int
	for shift := range n {
		row := make([]int, n)
		for k, p := range first {
			row[k] = (p + shift) % n
		}
		orders = append(orders, row)
	}
	if n%2 == 0 || n == 1 {
		return orders
	}
	for _, row := range orders[:n] {
		reversed := make([]int, n)
		for k, p := range row {
			reversed[n-1-k] = p
		}
		orders = append(orders, reversed)
	}
	return orders
}
