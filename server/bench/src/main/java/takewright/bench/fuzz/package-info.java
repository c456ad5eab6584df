/** What is fuzzed: each target takes bytes, and throws only where the program broke. */
package takewright.bench.fuzz;
