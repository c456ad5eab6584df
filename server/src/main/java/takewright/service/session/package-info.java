/** Sessions that are followed while they are recorded: kept on disk, resumed by their callers. */
package takewright.service.session;
