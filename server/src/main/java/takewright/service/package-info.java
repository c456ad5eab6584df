/**
 * gRPC in and out: one small adapter an operation, access, limits and deadlines. What is wrong with
 * a request is said here; what to do with sound is not.
 */
package takewright.service;
