// Package truth holds what analyze finds against truth from outside it: simulated
// benches with known answers, numpy and scipy, closed forms, published figures. It has
// tests alone, and looks at the rooms from outside as a user of them does.
package truth_test
