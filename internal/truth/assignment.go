package truth

import _ "embed"

// AssignmentInstance is a published table of costs with its optimum: every row has a column of its own.
type AssignmentInstance struct {
	Name    string
	Cost    [][]float64
	Optimum float64
}

//go:embed assignment_instances.csv
var assignmentCSV string

//go:embed assignment_results.csv
var assignmentResultsCSV string

// AssignmentInstances returns four small instances, two of them with more columns than rows, as the test set of a public numeric library for scientific
// work has them (seen); the optima are that test set's and were worked out again by enumeration, which agrees.
func AssignmentInstances() (list []AssignmentInstance) {
	for _, r := range table("assignment_results.csv", assignmentResultsCSV) {
		list = append(list, AssignmentInstance{Name: r[0], Optimum: float64(whole(r[1]))})
	}
	for _, r := range table("assignment_instances.csv", assignmentCSV) {
		for i := range list {
			if a := &list[i]; a.Name == r[0] {
				for len(a.Cost) < whole(r[1]) {
					a.Cost = append(a.Cost, nil)
				}
				row := &a.Cost[whole(r[1])-1]
				if len(*row) != whole(r[2])-1 {
					panic("own fault: assignment_instances.csv: columns of " + r[0] + " are out of order")
				}
				*row = append(*row, float64(whole(r[3])))
			}
		}
	}
	return list
}

// ThreeIndex is the assignment of three kinds of things with cost[i][j][k] = First[i][j] + Second[i][k]: such a cost splits, and the optimum is the sum of the
// two published optima, 850 + 18. No instance of three indices was found published; the sum was confirmed by full enumeration.
func ThreeIndex() (first, second [][]float64, optimum float64) {
	for _, a := range AssignmentInstances() {
		switch a.Name {
		case "lap1":
			first, optimum = a.Cost, optimum+a.Optimum
		case "lap3":
			second, optimum = a.Cost, optimum+a.Optimum
		}
	}
	return first, second, optimum
}
