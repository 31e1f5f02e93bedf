// Command bench measures the analysis.
package main

func main() {}
