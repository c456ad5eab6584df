/** The threads that do the work of calls, and the scheduler that gives out the cores. */
package takewright.service.work;
