package takewright.service;

/**
 * What every adapter needs from its server.
 *
 * @param folders the files that calls may reach
 * @param workers the threads that do the work
 */
record Site(GrantedFolders folders, Workers workers) {}
