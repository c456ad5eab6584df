/**
 * The commands. Each is a thin client of the service, and starts one inside its own process where
 * none is named.
 */
package takewright.cli;
