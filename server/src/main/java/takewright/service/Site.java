package takewright.service;

/**
 * What every adapter needs of the server it runs in.
 *
 * @param folders the files that calls may reach
 * @param workers the threads that do the work
 */
record Site(GrantedFolders folders, Workers workers) {}
