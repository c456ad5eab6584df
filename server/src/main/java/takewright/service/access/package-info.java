/**
 * Who may call and what a call may reach: the token, granted folders, limits, and the log of calls.
 */
package takewright.service.access;
