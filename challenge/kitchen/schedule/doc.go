// Package schedule places tasks in time under limited resources.
//
// It knows tasks with fixed durations, smallest and largest waits between
// their starts, renewable resources with capacities, times at which a resource
// is closed, and resources with a state (all tasks that run at once on one unit
// must want the same state, and a change of state takes time). What is wanted
// is a list of levels, each more important than all that follow.
//
// It knows nothing of kitchens, reads no clock except through the deadline of a
// context, and uses no randomness but the seed it is given: the same problem,
// seed and step limit give the same plan.
//
// Start reading at [Problem], then [Solve]. [Check] judges a plan without
// sharing any code with the search.
package schedule
