package takewright.service.call;

import takewright.service.access.GrantedFolders;
import takewright.service.work.Workers;

/**
 * What every adapter needs from its server.
 *
 * @param folders the files that calls may reach
 * @param workers the threads that do the work
 */
public record Site(GrantedFolders folders, Workers workers) {}
